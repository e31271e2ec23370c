-- What was made on the cluster and has come home.
select * from came_home
